"""The instructor's desk: write an exercise, see its answers, deal it to a class, mark it."""
