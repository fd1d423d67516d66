"""Work that takes time: found from state, leased in the database, done, tried again, given up with its error kept.

Knows nothing of the trade: the list of works is handed in by whoever runs them. There is no queue to fall out of step
with the truth: a work asks the state what still needs doing, and a lease only says who is at it.
"""
