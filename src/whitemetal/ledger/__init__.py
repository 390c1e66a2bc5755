"""The kept entries: SQLAlchemy Core over SQLite, each device its own chain, nothing ever changed."""

from whitemetal.ledger.ledger import Author, Ledger, Pen, entry_from
from whitemetal.ledger.stored_fold import Pictures
from whitemetal.ledger.verify import Fault, Walked, walk

__all__ = ["Author", "Fault", "Ledger", "Pen", "Pictures", "Walked", "entry_from", "walk"]
