"""Backup, check, salvage, recovery and merge of the job book."""
