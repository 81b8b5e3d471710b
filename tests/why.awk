# Out of what "dotnet test" printed: each test that failed, the first lines of its message and where it was.
/^  Failed [^!]/ { sub(/^  /, ""); sub(/ \[[^]]*\]$/, ""); print ""; print; left = 0; next }
/^  Error Message:/ { left = 8; next }
/^  Stack Trace:/ { left = 3; next }
/^  Standard (Output|Error) Messages:/ || /^(Passed|Failed)! +-/ || /^\[xUnit\.net/ { left = 0; next }
left > 0 && NF { print "  " $0; left-- }
