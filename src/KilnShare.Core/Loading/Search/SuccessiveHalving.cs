using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <summary>
/// Searches from many plans, since levels that look good may turn out to hold little. Two thirds of the work go to the best plan, the rest to
/// newcomers: after each stretch one of three goes on to a longer one, the best of those that wait.
/// (Asynchronous successive halving: Li, Jamieson, Rostamizadeh, Gonina, Hardt, Recht and Talwalkar 2020.)
/// </summary>
internal sealed class SuccessiveHalving(InstanceContext context, Neighbourhood neighbourhood)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly SearchBudget budget = context.Budget;
    private readonly SeededRandom random = context.Random;

    private readonly List<Stretch> stretches = [];

    /// <summary>The best plan found until the budget is spent or everything is placed.</summary>
    public PartialPlan Improve(PartialPlan start)
    {
        var leader = new Run(start);
        Advance(leader, SearchTuning.FirstStretch);
        // How much work the leader has had beyond its part.
        long ahead = 0;
        while (!budget.Stop && !leader.Best.Pool.IsEmpty)
        {
            var before = budget.Iterations;
            if (ahead <= 0)
            {
                Advance(leader, SearchTuning.FirstStretch);
                ahead += budget.Iterations - before;
                continue;
            }

            var other = Next(leader);
            ahead -= SearchTuning.LeadersWork * (budget.Iterations - before);
            if (Improvement.IsBetter(instance, other.Best, leader.Best)) leader = other;
        }

        return leader.Best;
    }

    // A run goes on to the longest stretch that has room for one; where none has, a new run begins.
    private Run Next(Run leader)
    {
        var at = stretches.FindLastIndex(s => s.Arrived >= SearchTuning.RunsToOne);
        var run = at < 0 ? Newcomer(leader.Best) : stretches[at].Release();
        var length = at < 0 ? SearchTuning.FirstStretch : (SearchTuning.RunsToOne - 1) * SearchTuning.FirstStretch;
        for (var k = 0; k < at; k++) length *= SearchTuning.RunsToOne;
        Advance(run, length);
        if (at + 1 == stretches.Count) stretches.Add(new Stretch());
        stretches[at + 1].Arrive(run);
        return run;
    }

    private Run Newcomer(PartialPlan best) => new(random.Below(2) == 0 ? neighbourhood.Levels.Anew(best) : neighbourhood.Levels.WithOtherLevels(best));

    private void Advance(Run run, long iterations)
    {
        var end = budget.Iterations + iterations;
        while (budget.Iterations < end && !budget.Stop && !run.Best.Pool.IsEmpty)
        {
            budget.Tick();
            if (neighbourhood.Varied(run.Current) is { } varied) run.Current = varied;
            run.Since++;
            if (Improvement.IsBetter(instance, run.Current, run.Best)) (run.Best, run.Since) = (run.Current, 0);
            if (run.Since > SearchTuning.PatienceOfRun) (run.Current, run.Since) = (run.Best, 0);
        }
    }

    /// <summary>One search: where it is, the best it has been, and for how long there was no better.</summary>
    private sealed class Run(PartialPlan start)
    {
        public PartialPlan Current { get; set; } = start;

        public PartialPlan Best { get; set; } = start;

        public int Since { get; set; }
    }

    /// <summary>Runs that have come to the end of one stretch.</summary>
    private sealed class Stretch
    {
        private readonly List<Run> waiting = [];

        /// <summary>How many came since the last went on.</summary>
        public int Arrived { get; private set; }

        public void Arrive(Run run)
        {
            Arrived++;
            waiting.Add(run);
            if (waiting.Count > SearchTuning.MostWaiting) waiting.Remove(waiting.MinBy(r => r.Best.Value)!);
        }

        public Run Release()
        {
            Arrived -= SearchTuning.RunsToOne;
            var best = waiting.MaxBy(r => r.Best.Value)!;
            waiting.Remove(best);
            return best;
        }
    }
}
