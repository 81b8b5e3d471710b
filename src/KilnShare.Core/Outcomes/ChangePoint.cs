using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>What may make the same recipe come out otherwise.</summary>
public enum ChangeKind
{
    /// <summary>A day that somebody asks about.</summary>
    Day,

    /// <summary>A new batch of a glaze.</summary>
    NewBatch,

    /// <summary>New elements in a kiln.</summary>
    ElementsReplaced,

    /// <summary>A new thermocouple in a kiln.</summary>
    ThermocoupleReplaced,
}

/// <summary>A moment from which recipes may come out otherwise.</summary>
/// <param name="Kind">What changed.</param>
/// <param name="At">When.</param>
/// <param name="On">The day of it in the studio's zone.</param>
public sealed record ChangePoint(ChangeKind Kind, Instant At, LocalDate On)
{
    /// <summary>The kiln that changed; null where none did.</summary>
    public Id<Kiln>? KilnId { get; init; }

    /// <summary>Its name.</summary>
    public string? Kiln { get; init; }

    /// <summary>The glaze of the new batch.</summary>
    public string? Glaze { get; init; }

    /// <summary>The new batch.</summary>
    public string? Batch { get; init; }

    /// <summary>Where ware stands: after the change, before it, or not concerned by it.</summary>
    internal bool? IsAfter(SeenCopies seen)
    {
        if (KilnId is { } kiln && seen.KilnId != kiln) return null;
        if (Batch is null) return seen.StartedAt >= At;
        var coats = seen.Fired.Where(l => string.Equals(l.Glaze.Name, Glaze, StringComparison.Ordinal) && l.Batch is not null).ToList();
        if (coats.Count == 0) return null;
        if (coats.Exists(l => string.Equals(l.Batch, Batch, StringComparison.Ordinal))) return true;
        return seen.StartedAt < At ? false : null;
    }

    /// <summary>The change in words, after "since".</summary>
    public string InWords() => Kind switch
    {
        ChangeKind.NewBatch => $"batch {Batch} of {Glaze}",
        ChangeKind.ElementsReplaced => $"the new elements in {Kiln} on {On:uuuu-MM-dd}",
        ChangeKind.ThermocoupleReplaced => $"the new thermocouple in {Kiln} on {On:uuuu-MM-dd}",
        _ => $"{On:uuuu-MM-dd}",
    };

    /// <summary>Each new batch of a glaze that had another one before, by the first firing that had it in.</summary>
    public static IEnumerable<ChangePoint> NewBatches(IEnumerable<SeenCopies> seen) => seen
        .SelectMany(s => s.Fired.Where(l => l.Batch is not null).Select(l => (Glaze: l.Glaze.Name, Batch: l.Batch!, s.StartedAt, s.On)))
        .GroupBy(b => b.Glaze, StringComparer.Ordinal)
        .SelectMany(glaze =>
            glaze.GroupBy(b => b.Batch, StringComparer.Ordinal).Select(batch => batch.MinBy(b => b.StartedAt)).OrderBy(b => b.StartedAt).Skip(1))
        .Select(b => new ChangePoint(ChangeKind.NewBatch, b.StartedAt, b.On) { Glaze = b.Glaze, Batch = b.Batch });
}
