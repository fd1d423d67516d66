"""One module per person or subject. Each view: guard, one action or query, render."""
