"""The printed pages: measurement.pdf and the placement sheet, drawn in greys that survive a copier."""
