"""Water and its mixtures, and how they flow in pipes."""
