"""Pages of the documentation that are made from the code, one file a page.

Each file has ``pages()``, the texts by their path under docs/, and ``gaps()``, what nobody has documented.
"""
