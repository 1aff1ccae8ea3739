"""Bucketbell: the chat assistant of a small aquarium-service team."""
