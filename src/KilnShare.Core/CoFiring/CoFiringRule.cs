namespace KilnShare.Core.CoFiring;

/// <summary>What a rule looks at, at once.</summary>
public enum Reach
{
    /// <summary>One piece in the firing.</summary>
    Piece,

    /// <summary>Pieces beside each other.</summary>
    Pair,

    /// <summary>The firing itself, whatever is in it.</summary>
    Load,
}

/// <summary>A rule of who may fire with whom. It speaks only when it has something to say.</summary>
public abstract class CoFiringRule
{
    private protected CoFiringRule(string name, Reach reach, string source, string needsToKnow, Touches[] touches)
    {
        Name = name;
        Reach = reach;
        Source = source;
        NeedsToKnow = needsToKnow;
        Touches = touches;
    }

    /// <summary>Its name in kebab case; stable.</summary>
    public string Name { get; }

    /// <summary>What it looks at, at once.</summary>
    public Reach Reach { get; }

    /// <summary>Where it comes from.</summary>
    public string Source { get; }

    /// <summary>The facts it cannot judge without.</summary>
    public string NeedsToKnow { get; }

    /// <summary>Whom its findings touch.</summary>
    public IReadOnlyList<Touches> Touches { get; }

    /// <summary>A studio's own outcomes may settle what it does not know.</summary>
    internal virtual bool YieldsToEvidence => false;

    private protected Finding Say(
        IReadOnlyList<string> pieces, Touches touches, Verdict verdict, string message, IReadOnlyList<Cure> cures,
        params ReadOnlySpan<(string Name, object? Value)> values)
    {
        var byName = new Dictionary<string, object?>(values.Length, StringComparer.Ordinal);
        foreach (var (name, value) in values) byName.Add(name, value is Enum one ? Names.Camel(one) : value);
        return new Finding(Name, touches, verdict, message, byName, cures, pieces);
    }
}

/// <summary>A rule on one piece in a firing.</summary>
internal abstract class PieceRule(string name, string source, string needsToKnow, params Touches[] touches)
    : CoFiringRule(name, Reach.Piece, source, needsToKnow, touches)
{
    /// <summary>What it says of the piece at <paramref name="index"/>.</summary>
    public abstract IEnumerable<Finding> Look(CheckedLoad load, int index);
}

/// <summary>A rule on the whole load: on pieces beside each other, or on the firing.</summary>
internal abstract class LoadRule(string name, Reach reach, string source, string needsToKnow, params Touches[] touches)
    : CoFiringRule(name, reach, source, needsToKnow, touches)
{
    /// <summary>
    /// The pieces of a load that may never be beside each other, whatever the cone and atmosphere: no giver beside a taker; null where the
    /// rule forbids no company.
    /// </summary>
    public virtual (List<int> Givers, List<int> Takers)? Forbids(CheckedLoad load) => null;

    /// <summary>What it says of the load.</summary>
    public abstract IEnumerable<Finding> Look(CheckedLoad load);
}
