"""The week as an integer program: inputs, problem, rules, program, aims. Knows library, athlete and train."""
