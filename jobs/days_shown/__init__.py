"""The days ahead as pages show them: drawn, in a day book, in sentences, before and after."""
