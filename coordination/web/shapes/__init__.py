"""What the screens show, as plain values: one module for each thing that is listed."""
