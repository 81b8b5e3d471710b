using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading;

/// <summary>What a load problem must satisfy before anything is searched.</summary>
internal static class LoadProblemRules
{
    public static Refusal? FirstBroken(LoadProblem problem) =>
        OfChamber(problem.Chamber)
        ?? OfShelves(problem.Furniture)
        ?? OfPosts(problem.Furniture)
        ?? OfSpacing(problem.Spacing)
        ?? OfPieces(problem.Pieces)
        ?? OfKeepOuts(problem.KeepOuts)
        ?? OfHeatZones(problem.HeatZones);

    private static Refusal? OfChamber(Chamber chamber) =>
        OfFootprint(chamber.Footprint, "/chamber/footprint")
        ?? Positive(chamber.Height, "/chamber/heightMm")
        ?? NotNegative(chamber.WallClearance, "/chamber/wallClearanceMm")
        ?? NotNegative(chamber.LidClearance, "/chamber/lidClearanceMm");

    private static Refusal? OfShelves(Furniture furniture)
    {
        var ids = new HashSet<string>(StringComparer.Ordinal);
        long total = 0;
        for (var i = 0; i < furniture.Shelves.Count; i++)
        {
            var shelf = furniture.Shelves[i];
            var at = $"/furniture/shelves/{i}";
            if (!ids.Add(shelf.Id)) return Invalid("duplicate-id", $"Two kinds of shelf are called {shelf.Id}; give each its own id.", $"{at}/id");
            if (shelf.Count < 0) return Invalid("count-out-of-range", "A count of shelves cannot be below 0.", $"{at}/count");
            total += shelf.Count;
            var refusal = OfFootprint(shelf.Footprint, $"{at}/footprint") ?? Positive(shelf.Thickness, $"{at}/thicknessMm")
                ?? OfMass(shelf.MassG, $"{at}/massG");
            if (refusal is not null) return refusal;
        }

        return total > LoadLimits.MaxShelves
            ? Invalid("too-many-shelves", $"{total} shelves are more than the {LoadLimits.MaxShelves} that one plan may have.", "/furniture/shelves")
            : null;
    }

    private static Refusal? OfPosts(Furniture furniture)
    {
        long total = 0;
        for (var i = 0; i < furniture.Posts.Count; i++)
        {
            var post = furniture.Posts[i];
            if (post.Count < 0) return Invalid("count-out-of-range", "A count of posts cannot be below 0.", $"/furniture/posts/{i}/count");
            total += post.Count;
            if (Positive(post.Height, $"/furniture/posts/{i}/heightMm") is { } refusal) return refusal;
        }

        if (total > LoadLimits.MaxPosts)
            return Invalid("too-many-posts", $"{total} posts are more than the {LoadLimits.MaxPosts} that one plan may have.", "/furniture/posts");
        if (furniture.PostHeights == PostHeights.Stock && furniture.PostDiameter.Micrometres == 0)
            return Invalid("post-diameter", "Posts from the stock have a diameter above 0 mm.", "/furniture/postDiameterMm");
        return NotNegative(furniture.PostDiameter, "/furniture/postDiameterMm") ?? NotNegative(furniture.PostInset, "/furniture/postInsetMm");
    }

    private static Refusal? OfSpacing(KilnSpacing spacing) =>
        NotNegative(spacing.Gap, "/spacing/gapMm")
        ?? NotNegative(spacing.Headroom, "/spacing/headroomMm")
        ?? NotNegative(spacing.ShelfGap, "/spacing/shelfGapMm");

    private static Refusal? OfPieces(IReadOnlyList<LoadPiece> pieces)
    {
        var ids = new HashSet<string>(StringComparer.Ordinal);
        long copies = 0;
        for (var i = 0; i < pieces.Count; i++)
        {
            if (!ids.Add(pieces[i].Id))
                return Invalid("duplicate-id", $"Two pieces are called {pieces[i].Id}; give each its own id.", $"/pieces/{i}/id");
            if (OfPiece(pieces[i], $"/pieces/{i}") is { } refusal) return refusal;
            copies += pieces[i].Quantity;
        }

        return copies > LoadLimits.MaxCopies
            ? Invalid("too-many-copies", $"{copies} copies are more than the {LoadLimits.MaxCopies} that one plan may have.", "/pieces")
            : null;
    }

    private static Refusal? OfPiece(LoadPiece piece, string at)
    {
        if (piece.Quantity < 1) return Invalid("quantity-out-of-range", "A quantity is at least 1.", $"{at}/quantity");
        var places = decimal.Round(piece.Priority, LoadLimits.PriorityDecimals);
        if (piece.Priority <= 0 || piece.Priority > LoadLimits.MaxPriority || places != piece.Priority)
        {
            return Invalid(
                "priority-out-of-range",
                $"A priority is above 0 and at most {LoadLimits.MaxPriority}, with {LoadLimits.PriorityDecimals} decimals at most.",
                $"{at}/priority");
        }

        if (piece.Stack is { Most: < 1 or > LoadLimits.MaxCopies })
            return Invalid("stack-out-of-range", $"A stack holds 1 to {LoadLimits.MaxCopies} copies.", $"{at}/stack/most");
        return OfFootprint(piece.Footprint, $"{at}/footprint")
            ?? Positive(piece.Height, $"{at}/heightMm")
            ?? OfMass(piece.MassG, $"{at}/massG")
            ?? (piece.Stack is { } stack ? NotNegative(stack.Add, $"{at}/stack/addMm") : null);
    }

    private static Refusal? OfKeepOuts(IReadOnlyList<KeepOut> keepOuts)
    {
        if (keepOuts.Count > LoadLimits.MaxKeepOuts)
            return Invalid("too-many-keep-outs", $"A chamber has {LoadLimits.MaxKeepOuts} keep-outs at most.", "/keepOuts");
        for (var i = 0; i < keepOuts.Count; i++)
        {
            var keepOut = keepOuts[i];
            var at = $"/keepOuts/{i}";
            if (keepOut.From.Micrometres >= keepOut.To.Micrometres)
                return Invalid("keep-out-upside-down", "A keep-out ends above where it begins.", $"{at}/toMm");
            var refusal = OfFootprint(keepOut.Footprint, $"{at}/footprint") ?? NotNegative(keepOut.From, $"{at}/fromMm")
                ?? NotNegative(keepOut.To, $"{at}/toMm") ?? Coordinate(keepOut.At.X, $"{at}/xMm") ?? Coordinate(keepOut.At.Y, $"{at}/yMm");
            if (refusal is not null) return refusal;
        }

        return null;
    }

    private static Refusal? OfHeatZones(IReadOnlyList<HeatZone> zones)
    {
        for (var i = 0; i < zones.Count; i++)
        {
            if (zones[i].From.Micrometres >= zones[i].To.Micrometres)
                return Invalid("heat-zone-upside-down", "A heat zone ends above where it begins.", $"/heatZones/{i}/toMm");
        }

        return null;
    }

    private static Refusal? OfFootprint(Footprint footprint, string at) => footprint switch
    {
        Footprint.Circle circle => Positive(circle.Diameter, $"{at}/diameterMm"),
        Footprint.HalfCircle half => Positive(half.Diameter, $"{at}/diameterMm"),
        Footprint.Rectangle r => Positive(r.Width, $"{at}/widthMm") ?? Positive(r.Depth, $"{at}/depthMm"),
        Footprint.Octagon octagon => Positive(octagon.AcrossFlats, $"{at}/acrossFlatsMm"),
        Footprint.Polygon polygon => PolygonRules.FirstBroken(polygon, $"{at}/pointsMm"),
        _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
    };

    private static Refusal? Positive(Length length, string pointer) =>
        length.Micrometres > 0 ? NotTooLong(length, pointer) : Invalid("length-out-of-range", "This length must be above 0 mm.", pointer);

    private static Refusal? NotNegative(Length length, string pointer) =>
        length.Micrometres >= 0 ? NotTooLong(length, pointer) : Invalid("length-out-of-range", "This length cannot be below 0 mm.", pointer);

    private static Refusal? NotTooLong(Length length, string pointer) => Coordinate(length.Micrometres, pointer);

    private static Refusal? Coordinate(long micrometres, string pointer) =>
        Math.Abs(micrometres) <= LoadLimits.MaxLengthMicrometres
            ? null
            : Invalid("length-out-of-range", $"{micrometres / 1000m} mm is beyond the 5,000 mm that a plan may measure.", pointer);

    private static Refusal? OfMass(decimal? massG, string pointer) =>
        massG is null or (>= 0 and <= LoadLimits.MaxMassG)
            ? null
            : Invalid("mass-out-of-range", $"A mass is from 0 to {LoadLimits.MaxMassG:0} g.", pointer);

    private static Refusal Invalid(string code, string message, string pointer) => Refusal.Invalid($"loading.{code}", message, pointer);
}
