"""What it costs and what to ask: the bill of materials, labour, overhead, profit, tax, and quantities compared."""
