"""Quicker ways to the same answers, with numpy: for studies and for the command line. The phone runs the plain ones."""
