"""What a designer would sign of any house: one thing about it is changed, and the figures may only go one way."""
