"""Mutants: small mistakes made on purpose in the program, to see whether the tests notice. `make mutants` draws and tries them."""
