namespace KilnShare.Core.Outcomes;

/// <summary>How often luck alone would set firings after a change so far apart from those before it.</summary>
public static class FiringPermutation
{
    // So many orders are tried one by one; of more, so many are drawn.
    private const int MostOrders = 2000;

    /// <summary>
    /// For each question the part of all orders of the firings in which the greatest difference of any question is at least as great as its own: a p-value
    /// held against all of them together.
    /// </summary>
    /// <remarks>Source: single-step maxT, Westfall and Young, Resampling-Based Multiple Testing (1993), from memory.</remarks>
    /// <param name="questions">For each question what every firing says of it; no pieces where it says nothing.</param>
    /// <param name="isAfter">Which firings came after the change.</param>
    /// <param name="seed">Of the orders that are drawn.</param>
    public static IReadOnlyList<double> ByLuck(IReadOnlyList<FiringCount[]> questions, bool[] isAfter, int seed)
    {
        if (questions.Count == 0) return [];
        var tables = questions.Select(Table.Of).ToList();
        var seen = tables.ConvertAll(t => t.Difference(isAfter));
        var beaten = new int[tables.Count];
        var tried = 0;
        foreach (var order in Orders(isAfter, seed))
        {
            tried++;
            var greatest = tables.Max(t => t.Difference(order));
            for (var i = 0; i < beaten.Length; i++)
                if (greatest >= seen[i] - 1e-9) beaten[i]++;
        }

        return [.. beaten.Select(b => (double)b / tried)];
    }

    /// <summary>All ways to say which firings came after, or some of them with the true one among them.</summary>
    private static IEnumerable<bool[]> Orders(bool[] isAfter, int seed)
    {
        var after = isAfter.Count(a => a);
        if (Ways(isAfter.Length, after) <= MostOrders) return All(new bool[isAfter.Length], 0, after);
        return Drawn(isAfter, seed);
    }

    private static IEnumerable<bool[]> All(bool[] order, int from, int left)
    {
        if (left == 0)
        {
            yield return order;
            yield break;
        }

        for (var i = from; i <= order.Length - left; i++)
        {
            order[i] = true;
            foreach (var one in All(order, i + 1, left - 1)) yield return one;
            order[i] = false;
        }
    }

    private static IEnumerable<bool[]> Drawn(bool[] isAfter, int seed)
    {
        yield return isAfter;
        var (random, order) = (new Random(seed), isAfter.ToArray());
        for (var i = 1; i < MostOrders; i++)
        {
            random.Shuffle(order);
            yield return order;
        }
    }

    private static double Ways(int all, int some)
    {
        double ways = 1;
        for (var i = 1; i <= some; i++) ways = ways * (all - some + i) / i;
        return Math.Round(ways);
    }

    /// <summary>What the firings say of one question, with how much each is worth.</summary>
    private sealed class Table
    {
        private readonly int[] firings;
        private readonly double[] worth;
        private readonly double[] such;
        private readonly double all;
        private readonly double allSuch;

        private Table(int[] firings, double[] worth, double[] such) =>
            (this.firings, this.worth, this.such, all, allSuch) = (firings, worth, such, worth.Sum(), such.Sum());

        public static Table Of(FiringCount[] counts)
        {
            int[] told = [.. Enumerable.Range(0, counts.Length).Where(i => counts[i].Pieces > 0)];
            double[] worths = [.. told.Select(i => RateInterval.Worth(counts[i].Pieces, RateInterval.PriorCorrelation))];
            return new Table(told, worths, [.. told.Select((firing, i) => worths[i] * counts[firing].Seen / counts[firing].Pieces)]);
        }

        /// <summary>The difference of the rates after and before, over what luck usually makes of it; 0 where one side says nothing.</summary>
        public double Difference(bool[] isAfter)
        {
            double after = 0, suchAfter = 0;
            for (var i = 0; i < firings.Length; i++)
            {
                if (!isAfter[firings[i]]) continue;
                after += worth[i];
                suchAfter += such[i];
            }

            var before = all - after;
            if (after <= 0 || before <= 1e-9 || allSuch <= 0 || allSuch >= all) return 0;
            var rate = allSuch / all;
            return Math.Abs(suchAfter / after - (allSuch - suchAfter) / before) / Math.Sqrt(rate * (1 - rate) * (1 / after + 1 / before));
        }
    }
}
