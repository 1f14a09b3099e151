"""Tuning a recogniser to the trade: a low-rank adapter trained on spoken text. Needs PyTorch (the extra ``tuning``)."""
