"""The catalogue: parts shipped with seaflow, sheets of one's own, and what they say."""
