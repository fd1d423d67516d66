"""The calculations of the trade, one module or small package each, behind :mod:`.registry`.

Every result carries unit, source and status. A missing input gives "unknown"; a look-up outside a
printed table raises OutOfTable. Computed strengths, capacities and fits plan work: they clear
nothing, and the approved drawing, the engineer and the local code govern.
"""
