"""What is done to the workbook that nobody should do to it, and what must not come of it."""
