"""Thin HTTP: each module parses what comes, asks a service, and answers; the decisions are made elsewhere."""
