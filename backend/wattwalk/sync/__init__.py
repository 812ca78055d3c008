"""The log of changes and what it adds up to: push, pull, contested values, refusals, photos, documents in and out."""
