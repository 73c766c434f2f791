"""The answer of `survey`: text, record and checklist."""
