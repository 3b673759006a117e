"""Recipes as people paste or say them: text in, ingredients with amounts out."""
