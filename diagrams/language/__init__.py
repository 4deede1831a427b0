"""What an author may write: poses, joints, parts and props in the words of the trade."""
