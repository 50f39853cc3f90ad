"""The engines that read a line image, each behind a small protocol."""
