"""Spareway: from a job folder of a home's intake and board to findings with their working, drawings and papers."""
__version__ = "0.1.0"
