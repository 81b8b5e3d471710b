namespace KilnShare.Core.Common;

/// <summary>What sort of "no" a refusal is; the edge turns it into a status.</summary>
public enum RefusalKind
{
    /// <summary>The request itself is malformed or out of range.</summary>
    Invalid,

    /// <summary>The role of the asker does not allow it.</summary>
    Forbidden,

    /// <summary>There is no such thing, or it is not the asker's to see.</summary>
    Absent,

    /// <summary>It clashes with the present state of the studio.</summary>
    Conflict,

    /// <summary>The asker's copy is older than the stored one.</summary>
    Stale,

    /// <summary>Well formed, but a rule of the trade or of the books says no.</summary>
    Rule,

    /// <summary>Too much at once; asking again later may succeed.</summary>
    Busy,
}

/// <summary>An expected "no", as a value: which rule, in which field, and what to do next.</summary>
/// <param name="Kind">What sort of refusal.</param>
/// <param name="Code">Stable code, <c>capability.what-is-wrong</c>.</param>
/// <param name="Message">One or two sentences a potter can act on.</param>
/// <param name="Pointer">The field as a JSON pointer (RFC 6901), where there is one.</param>
public sealed record Refusal(RefusalKind Kind, string Code, string Message, string? Pointer = null)
{
    /// <summary>Figures and names behind the refusal (piece ids, the nearest that would work), by name.</summary>
    public IReadOnlyDictionary<string, object?> Values { get; init; } = new Dictionary<string, object?>(StringComparer.Ordinal);

    /// <summary>A well-formed request that a rule refuses.</summary>
    public static Refusal Rule(string code, string message, string? pointer = null) => new(RefusalKind.Rule, code, message, pointer);

    /// <summary>A request that is malformed or out of range.</summary>
    public static Refusal Invalid(string code, string message, string? pointer = null) => new(RefusalKind.Invalid, code, message, pointer);

    /// <summary>A request that clashes with the present state.</summary>
    public static Refusal Conflict(string code, string message, string? pointer = null) => new(RefusalKind.Conflict, code, message, pointer);
}
