"""Plain pages, made on the server: the due list, a unit, the import of a list, the standards. No script is needed."""
