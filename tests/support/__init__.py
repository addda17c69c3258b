"""What tests share: processes they start, threads that run at once, things a machine may lack."""
