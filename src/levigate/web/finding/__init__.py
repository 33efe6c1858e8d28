"""Finding: everything on record by a name or a code, and a jar traced back to its lots."""
