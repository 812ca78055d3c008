"""What only the office does: quotes, reports, and the emails that carry them."""
