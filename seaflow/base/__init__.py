"""Ground floor: units, glossary, sources, tables and problems. Depends on: nothing of ours."""
