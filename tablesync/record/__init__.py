"""The record file: one game as evidence, written, read and examined."""
