"""Paper: the data sheet of a check and the blank sheet to write on at the machine, as PDF."""

from whitemetal.sheets.blank_sheet import blank_sheet
from whitemetal.sheets.data_sheet import data_sheet
from whitemetal.sheets.head import JobHead
from whitemetal.sheets.pictures import Pictures, pictures_of, section_of

__all__ = ["JobHead", "Pictures", "blank_sheet", "data_sheet", "pictures_of", "section_of"]
