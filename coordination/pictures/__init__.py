"""Numbers to SVG: hoistway section, time chart, machine room plan and device matrix, each with the rows behind it."""
