"""What every question shares: need, worst cases, supply, limits, choice of pump, certainty."""
