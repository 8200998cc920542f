"""Small days proven by looking at all that could be better: `ask` asks, `day` lays out, `walk` searches."""
