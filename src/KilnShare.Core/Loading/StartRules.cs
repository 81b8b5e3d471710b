using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>What a start plan must satisfy before it can be kept.</summary>
internal static class StartRules
{
    public static Refusal? FirstBroken(LoadProblem problem)
    {
        if (problem.Start is not { } start) return problem.Pinned.Count > 0 ? PinnedWithoutStart() : null;
        return Shelves(problem, start) ?? Posts(start) ?? Pinned(problem, start);
    }

    private static Refusal? Shelves(LoadProblem problem, LoadPlan start)
    {
        var kinds = problem.Furniture.Shelves.Select(s => s.Id).ToHashSet(StringComparer.Ordinal);
        for (var i = 0; i < start.Shelves.Count; i++)
        {
            if (start.Shelves[i].Index != i)
                return Refusal.Invalid("loading.start-index", "The shelves of a start plan are numbered from 0 in order.", $"/start/shelves/{i}/index");
            if (i > 0 && start.Shelves[i].Top < start.Shelves[i - 1].Top)
                return Refusal.Invalid("loading.start-order", "List the shelves of a start plan from the lowest up.", $"/start/shelves/{i}/topMm");
            if (problem.Keep != Keep.None && !kinds.Contains(start.Shelves[i].ShelfId))
            {
                return Refusal.Invalid(
                    "loading.start-shelf-unknown",
                    $"The start plan has a shelf of kind {start.Shelves[i].ShelfId} that the furniture lacks.",
                    $"/start/shelves/{i}/shelfId");
            }
        }

        return null;
    }

    private static Refusal? Posts(LoadPlan start)
    {
        for (var i = 0; i < start.Posts.Count; i++)
        {
            var post = start.Posts[i];
            if (post.Carries.Append(post.StandsOn ?? 0).All(s => s >= 0 && s < Math.Max(1, start.Shelves.Count))) continue;
            return Refusal.Invalid("loading.start-post", "A post of the start plan names a shelf that the plan does not have.", $"/start/posts/{i}");
        }

        return null;
    }

    private static Refusal? Pinned(LoadProblem problem, LoadPlan start)
    {
        var quantities = problem.Pieces.ToDictionary(p => p.Id, p => p.Quantity, StringComparer.Ordinal);
        var placed = start.Shelves.SelectMany(s => s.Placements).SelectMany(p => p.Copies.Select(c => new PinnedCopy(p.PieceId, c))).ToHashSet();
        for (var i = 0; i < problem.Pinned.Count; i++)
        {
            var pin = problem.Pinned[i];
            if (quantities.TryGetValue(pin.PieceId, out var quantity) && pin.Copy < quantity && placed.Contains(pin)) continue;
            return Refusal.Invalid(
                "loading.pinned-unknown", $"Copy {pin.Copy} of {pin.PieceId} has no place in the start plan, so it cannot stay there.", $"/pinned/{i}");
        }

        return null;
    }

    private static Refusal PinnedWithoutStart() =>
        Refusal.Invalid("loading.pinned-without-start", "Copies can only be pinned where a start plan places them; give the start plan too.", "/pinned");
}
