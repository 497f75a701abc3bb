"""Two or more studies on the same draws."""
