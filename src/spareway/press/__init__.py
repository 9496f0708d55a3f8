"""Papers made: templates and plain data in, a PDF out. The only room that calls the typesetter."""
