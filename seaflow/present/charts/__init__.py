"""What drawings share: axes, lines and words in SVG, words kept apart, and a chart of letters."""
