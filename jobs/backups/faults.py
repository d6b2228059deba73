class BackupFault(Exception):
    """Why a backup could not be made, opened or restored, in words for a person."""
