"""A job: entries fold to a state, a state is judged."""
