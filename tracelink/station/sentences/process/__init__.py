"""What stations of process steps say."""
