"""Speed, measured side by side in one run: `python -m tests.benchmarks`. Not tests."""
