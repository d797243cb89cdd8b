"""A class at several pits: what is shown when, what each team does, guesses and what can be learned."""
