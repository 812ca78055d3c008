"""Files that the Python and the TypeScript side must both agree with."""
