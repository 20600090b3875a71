"""An assignment handed out, handed in and graded by nbgrader's own commands."""
