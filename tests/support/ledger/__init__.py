"""A ledger of sync: random histories of phones and an office, and an account of every edit that a screen called saved."""
