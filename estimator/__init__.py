"""Prices small batches of solid-wood furniture from plain lists and price tables."""
