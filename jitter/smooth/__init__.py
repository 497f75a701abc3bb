"""The smooth road: hit rates from few points, every step integrated before it is met."""
