"""The run-in: what the temperatures say while there is time to stop, and where they will settle."""
