"""The ledger: every edit a phone called saved and every one it called at the office, held against what is there after random faults."""
