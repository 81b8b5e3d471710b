using KilnShare.Core.Firings;

namespace KilnShare.Core.Outcomes;

/// <summary>A recipe that comes out otherwise since something changed.</summary>
/// <param name="Point">What changed.</param>
/// <param name="Recipe">The recipe: clay, glaze, coats, cone and atmosphere.</param>
/// <param name="Defect">What it does more or less often; null: come out sound.</param>
/// <param name="Before">How often it did before.</param>
/// <param name="After">How often it does since.</param>
/// <param name="ByLuck">How often luck alone would show as much somewhere in this answer, as a part of 1.</param>
public sealed record RecipeChange(ChangePoint Point, EvidenceRow Recipe, Defect? Defect, SeenRate Before, SeenRate After, double ByLuck)
{
    /// <summary>The change in words.</summary>
    public string InWords()
    {
        var how = Defect is { } defect ? OutcomeWords.Of(defect) : OutcomeWords.Sound;
        var coats = Recipe.Glaze is null ? "" : $" under {Recipe.Coats} {(Recipe.Coats == 1 ? "coat" : "coats")} of {Recipe.Glaze}";
        return $"{Recipe.Clay}{coats} at cone {Recipe.Cone}: since {Point.InWords()}, {After.Seen} of {After.Pieces} {how}, in {After.Firings} firings; "
            + $"before, {Before.Seen} of {Before.Pieces}, in {Before.Firings} firings.";
    }
}

/// <summary>Which recipes come out otherwise since something changed.</summary>
/// <param name="Changes">What was found, the surest first.</param>
/// <param name="Points">How many changes were looked at.</param>
/// <param name="Questions">How many recipes and outcomes had firings enough on both sides to be asked of.</param>
public sealed record RecipeChanges(IReadOnlyList<RecipeChange> Changes, int Points, int Questions)
{
    /// <summary>Something is reported that luck alone made in so many answers at most, as a part of 1.</summary>
    public const double FalseAlarms = 0.05;

    // So many firings on either side of a change are looked at, those nearest to it; our choice.
    private const int NearestFirings = 30;
    private const int MostPoints = 10;

    /// <summary>Looks for changes at these points, the newest ten of them.</summary>
    /// <remarks>
    /// Source: permutation of whole firings, since the pieces of one share its luck, with the greatest standardised difference over all recipes of a point
    /// (Westfall and Young, Resampling-Based Multiple Testing, 1993, from memory), and Holm's correction over the points (Holm, Scandinavian Journal of
    /// Statistics 6, 1979, 65). Valid for: firings that but for the change might have come in any order. Accuracy: luck alone raises an alarm in one
    /// answer of twenty at most.
    /// </remarks>
    /// <param name="seen">What was seen.</param>
    /// <param name="points">What changed, and when.</param>
    /// <param name="seed">Of the permutations, where there are too many to try all.</param>
    public static RecipeChanges Of(IReadOnlyList<SeenCopies> seen, IEnumerable<ChangePoint> points, int seed)
    {
        var asked = points.OrderByDescending(p => p.At).Take(MostPoints).Select(p => Ask(seen, p, seed)).Where(a => a.Count > 0).ToList();
        var found = new List<RecipeChange>();
        double least = 0;
        var left = asked.Count;
        foreach (var point in asked.OrderBy(a => a.Min(c => c.ByLuck)))
        {
            // Holm: the surest point is held against all, the next against one less, and none is surer than the one before it.
            var factor = left--;
            least = Math.Max(least, Math.Min(1, factor * point.Min(c => c.ByLuck)));
            if (least > FalseAlarms) break;
            found.AddRange(point.Select(c => c with { ByLuck = Math.Max(least, Math.Min(1, factor * c.ByLuck)) }).Where(c => c.ByLuck <= FalseAlarms));
        }

        return new RecipeChanges([.. found.OrderBy(c => c.ByLuck)], asked.Count, asked.Sum(a => a.Count));
    }

    /// <summary>What that means.</summary>
    public string InWords() => (Questions, Changes.Count) switch
    {
        (0, _) => "No change has two firings of one recipe before it and two since: too few to tell anything.",
        (_, 0) => "Nothing comes out otherwise that luck might not have made. That does not say that nothing changed: few firings show great changes only.",
        (_, 1) => "One recipe comes out otherwise since something changed. Look for what else changed at that time before you believe the reason.",
        _ => "Some recipes come out otherwise since something changed. Look for what else changed at that time before you believe the reason.",
    };

    /// <summary>Every question that can be asked of a point, with how often luck alone would show as much in one of them.</summary>
    private static IReadOnlyList<RecipeChange> Ask(IReadOnlyList<SeenCopies> seen, ChangePoint point, int seed)
    {
        var sides = Sides(seen, point);
        var near = sides.Where(s => s.Value).OrderBy(s => s.Key.StartedAt).Take(NearestFirings)
            .Concat(sides.Where(s => !s.Value).OrderByDescending(s => s.Key.StartedAt).Take(NearestFirings))
            .OrderBy(s => s.Key.StartedAt).ThenBy(s => s.Key.FiringId.Value).ToList();
        var index = near.Select((s, i) => (s.Key.FiringId, i)).ToDictionary(s => s.FiringId, s => s.i);
        var isAfter = near.ConvertAll(s => s.Value).ToArray();
        var ware = seen.Where(s => index.TryGetValue(s.FiringId, out var i) && point.IsAfter(s) == isAfter[i]).ToList();
        var (questions, counts) = (new List<RecipeChange>(), new List<FiringCount[]>());
        foreach (var recipe in EvidenceTable.Grouped(ware, EvidenceTable.ByCoats))
        {
            foreach (var defect in recipe.Row.Defects.Keys.Select(d => (Defect?)d).Prepend(null))
            {
                bool Holds(SeenCopies s) => defect is { } d ? s.Defects.Contains(d) : s.IsSound;
                var byFiring = SeenRate.CountsOf(recipe.Seen, Holds);
                SeenRate On(bool side) => SeenRate.Of([.. byFiring.Where(f => isAfter[index[f.Key]] == side).Select(f => f.Value)]);
                var (before, after) = (On(false), On(true));
                if (before.Firings < RateInterval.LeastFirings || after.Firings < RateInterval.LeastFirings) continue;
                var row = new FiringCount[near.Count];
                foreach (var (firing, count) in byFiring) row[index[firing]] = count;
                questions.Add(new RecipeChange(point, recipe.Row, defect, before, after, 1));
                counts.Add(row);
            }
        }

        var luck = FiringPermutation.ByLuck(counts, isAfter, seed);
        return [.. questions.Select((q, i) => q with { ByLuck = luck[i] })];
    }

    /// <summary>On which side each firing stands that has ware concerned: where it has some of both, the side of more pieces.</summary>
    private static Dictionary<(Common.Id<Firing> FiringId, NodaTime.Instant StartedAt), bool> Sides(IReadOnlyList<SeenCopies> seen, ChangePoint point) => seen
        .Select(s => (Seen: s, IsAfter: point.IsAfter(s))).Where(s => s.IsAfter is not null)
        .GroupBy(s => (s.Seen.FiringId, s.Seen.StartedAt))
            .ToDictionary(f => f.Key, f => 2 * f.Where(s => s.IsAfter == true).Sum(s => s.Seen.Copies) > f.Sum(s => s.Seen.Copies));
}
