using KilnShare.Core.Kilns;

namespace KilnShare.Core.Loading.Checks;

/// <summary>The plan with every outline worked out once.</summary>
internal sealed class Scene
{
    public Scene(LoadProblem problem, LoadPlan plan)
    {
        Problem = problem;
        Plan = plan;
        Chamber = CheckShape.Of(problem.Chamber.Footprint, 0, 0, 0);
        var kinds = problem.Furniture.Shelves.ToDictionary(s => s.Id, StringComparer.Ordinal);
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        Shelves = [.. plan.Shelves.Select(s => new ShelfSeen(s, kinds[s.ShelfId]))];
        Ware = [.. Shelves.SelectMany(s => s.Placed.Placements.Select(p => new WareSeen(s, p, pieces[p.PieceId])))];
        KeepOuts = [.. problem.KeepOuts.Select(k => CheckShape.Of(k.Footprint, k.At.X, k.At.Y, 0))];
        Posts = [.. plan.Posts.Select(p => CheckShape.Disc(p.X.Micrometres, p.Y.Micrometres, problem.Furniture.PostDiameter.Micrometres))];
    }

    public LoadProblem Problem { get; }

    public LoadPlan Plan { get; }

    public CheckShape Chamber { get; }

    public ShelfSeen[] Shelves { get; }

    public WareSeen[] Ware { get; }

    public CheckShape[] KeepOuts { get; }

    public CheckShape[] Posts { get; }

    public long Lid => Problem.Chamber.Height.Micrometres;

    public long Gap => Problem.Spacing.Gap.Micrometres;

    public long Headroom => Problem.Spacing.Headroom.Micrometres;

    public bool FromStock => Problem.Furniture.PostHeights == PostHeights.Stock;
}

/// <summary>A shelf with its outline.</summary>
internal sealed class ShelfSeen(PlacedShelf placed, ShelfStock kind)
{
    public PlacedShelf Placed { get; } = placed;

    public ShelfStock Kind { get; } = kind;

    public CheckShape Shape { get; } = CheckShape.Of(kind.Footprint, placed.X.Micrometres, placed.Y.Micrometres, placed.RotationThousandths);

    public long Top { get; } = placed.Top.Micrometres;

    public long Underside { get; } = (placed.Top - kind.Thickness).Micrometres;

    public string Name => $"shelf {Placed.Index}";
}

/// <summary>A piece or a stack with its outline.</summary>
internal sealed class WareSeen(ShelfSeen shelf, Placement placed, LoadPiece piece)
{
    public ShelfSeen Shelf { get; } = shelf;

    public Placement Placed { get; } = placed;

    public LoadPiece Piece { get; } = piece;

    public CheckShape Shape { get; } = CheckShape.Of(piece.Footprint, placed.X.Micrometres, placed.Y.Micrometres, placed.RotationThousandths);

    public long From { get; } = shelf.Top;

    public long To { get; } = shelf.Top + piece.Height.Micrometres + ((placed.Copies.Count - 1) * (piece.Stack?.Add.Micrometres ?? 0));

    public string Name => $"{Placed.PieceId} (copy {Placed.Copies[0]})";
}
