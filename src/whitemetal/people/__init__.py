"""Who may do what, and whose hand it was: accounts, roles, sessions, tokens, keys and signatures.

Nothing here knows an entry's book: the desk keeps what people do in the record, this room keeps the secrets.
"""
