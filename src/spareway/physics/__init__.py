"""Formulas on plain numbers: no job, no table, no verdict. A rule's constant is a parameter and comes from a table."""
