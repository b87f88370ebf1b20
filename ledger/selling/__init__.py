"""Prices, holds, the ready list, sales and what becomes of them, customers."""
