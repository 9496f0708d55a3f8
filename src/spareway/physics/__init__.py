"""Formulas on plain numbers: no job, no table, no verdict. A constant of a rule is a parameter and comes from a table."""
