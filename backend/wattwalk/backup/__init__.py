"""Backups: database, photos and papers in one file, made while the office serves, and put back as a whole."""
