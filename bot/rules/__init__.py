"""The trade's judgement: readings, waits, gates, visits, stock. Pure: values in, values out, now is an argument."""
