"""What cooling costs in a day, and at which speed the pump costs least. Depends on: model, boat."""
