"""How a case comes about by questions: starter, interview, answers of a checklist."""
