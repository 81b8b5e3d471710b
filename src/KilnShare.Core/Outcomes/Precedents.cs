using KilnShare.Core.CoFiring;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>Ware of one recipe that was fired here before, held against ware that is to be.</summary>
/// <param name="Likeness">How like it is.</param>
/// <param name="Seen">All that was seen of it, the newest first.</param>
/// <param name="Sound">How often it came out sound.</param>
/// <param name="Defects">How often each defect that was seen came.</param>
public sealed record Precedent(Likeness Likeness, IReadOnlyList<SeenCopies> Seen, SeenRate Sound, IReadOnlyDictionary<Defect, SeenRate> Defects)
{
    /// <summary>Nothing of its recipe differs.</summary>
    public bool IsSame => Likeness.Unlike.Count == 0;

    /// <summary>The day its newest firing was unloaded.</summary>
    public LocalDate LastOn => Seen[0].On;
}

/// <summary>What happened here before to ware like this, and what may be expected of it.</summary>
/// <param name="Cases">What is most like it first.</param>
/// <param name="Sound">How often it may come out sound, by all cases, each for as much as it is like; null where there is none.</param>
/// <param name="OwnFirings">How many of the firings are of the very recipe.</param>
public sealed record Precedents(IReadOnlyList<Precedent> Cases, SeenRate? Sound, int OwnFirings)
{
    private const int MostCases = 20;

    /// <summary>How many firings of other recipes are borrowed.</summary>
    public int BorrowedFirings => (Sound?.Firings ?? 0) - OwnFirings;

    /// <summary>The cases of ware like this.</summary>
    /// <param name="wanted">The ware as it is to go in.</param>
    /// <param name="aim">The firing; null where none is chosen yet.</param>
    /// <param name="seen">What was seen so far.</param>
    public static Precedents Of(Ware wanted, FiringAim? aim, IEnumerable<SeenCopies> seen)
    {
        var cases = seen.GroupBy(RecipeOf, StringComparer.Ordinal).Select(same => CaseOf(wanted, aim, [.. same.OrderByDescending(s => s.On)]))
            .OfType<Precedent>()
            .OrderByDescending(c => c.Likeness.Weight).ThenByDescending(c => c.Sound.Firings).ThenByDescending(c => c.Sound.Pieces)
            .ThenByDescending(c => c.LastOn)
            .Take(MostCases).ToList();
        if (cases.Count == 0) return new Precedents([], null, 0);
        var counts = Borrow(cases, s => s.IsSound);
        return new Precedents(cases, SeenRate.Of(counts), counts.Count(c => c.Weight == 1));
    }

    /// <summary>What may be expected, in words, and what of it is borrowed.</summary>
    public string InWords() => Sound switch
    {
        null => "Nothing like it has been fired here yet. Fire a test first.",
        { } all when BorrowedFirings == 0 => all.InWords(OutcomeWords.Sound),
        { Range: { } range } => $"{OfOwn()} {OfBorrowed()} Together the rate of sound ware probably lies {SeenRate.Words(range)}.",
        _ => $"{OfOwn()} One firing of ware that is less like it is all there is: it may have been an odd one.",
    };

    private string OfOwn() => Cases[0] is { IsSame: true } own
        ? $"Of this very recipe {own.Sound.Seen} of {own.Sound.Pieces} {OutcomeWords.Sound}, in "
            + $"{(own.Sound.Firings == 1 ? "one firing" : $"{own.Sound.Firings} firings")}."
        : "This very recipe has not been fired here yet.";

    private string OfBorrowed() => BorrowedFirings == 1
        ? "One firing of ware that is less like it is borrowed, and counts for less."
        : $"{BorrowedFirings} firings of ware that is less like it are borrowed, and count for less.";

    private static Precedent? CaseOf(Ware wanted, FiringAim? aim, IReadOnlyList<SeenCopies> same) => Likeness.Of(wanted, aim, same[0]) is { } likeness
        ? new Precedent(likeness, same, SeenRate.Of(same, s => s.IsSound), SeenRate.OfDefects(same)) : null;

    /// <summary>Of each firing what is most like it, so that no firing's luck counts twice.</summary>
    private static List<FiringCount> Borrow(List<Precedent> cases, Func<SeenCopies, bool> holds)
    {
        var best = new Dictionary<Common.Id<Firing>, FiringCount>();
        foreach (var one in cases)
            foreach (var (firing, count) in SeenRate.CountsOf(one.Seen, holds)) best.TryAdd(firing, count with { Weight = one.Likeness.Weight });
        return [.. best.Values];
    }

    private static string RecipeOf(SeenCopies seen) => string.Join('\n', [
        seen.Clay.Name, seen.Aim.Cone.Name, $"{seen.Aim.Series}", $"{seen.Aim.Atmosphere}",
        .. seen.Layers.Select(l => $"{l.Glaze.Name}\t{(l.IsRaw ? $"{l.Coats}\t{l.AppliedBy}" : "fired")}")]);
}
