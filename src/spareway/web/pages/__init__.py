"""The screens, one module a place. Each lists its addresses in PAGES: (path, function, methods)."""
