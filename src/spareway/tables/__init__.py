"""Published numbers, one file a table, and how they are looked up. A table is read when it is first asked for."""
from __future__ import annotations

from spareway.tables.books import Books
from spareway.tables.look import look_up, next_size, print_of, rows
from spareway.tables.points import breaker_bounds, time_current
from spareway.tables.table import NoRow

__all__ = ["Books", "NoRow", "breaker_bounds", "look_up", "next_size", "print_of", "rows", "time_current"]
