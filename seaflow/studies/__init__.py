"""Questions asked of the forward model. Depends on: model, boat, physics, base."""
