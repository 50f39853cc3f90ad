"""What people do, step by step: take a photo in, confirm, judge, plan, look up, decide, list again.

Each joins the records with what judges or counts; none knows the web or the terminal.
"""
