"""What a healthy boat should read today. Depends on: diagnosis, placing, model, boat, physics."""
