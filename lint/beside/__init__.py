"""What lies beside a manuscript: the house style of its folder, and the editor's own file of what is not printed."""
