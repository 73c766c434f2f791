"""Properties of seawater."""
