"""How hard a text is to read, sentence by sentence: text in, measures and marked sentences out."""
