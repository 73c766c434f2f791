"""What a sound boat should read today. Depends on: diagnosis, certainty, model, boat, physics."""
