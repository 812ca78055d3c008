"""What the demo firm sells: invented articles of invented suppliers at invented prices, as a list that any firm can read to see how its own may look."""

from __future__ import annotations

from pathlib import Path

ARTICLES = Path(__file__).with_name("articles.csv")
