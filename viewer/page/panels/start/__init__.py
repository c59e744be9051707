"""The first page: the folder's boats and jobs, and a new one."""
