namespace KilnShare.Core.Costs;

/// <summary>What an account is for.</summary>
public enum AccountKind
{
    /// <summary>What one member owes the studio; below 0 what the studio owes the member.</summary>
    Member,

    /// <summary>What firings brought in.</summary>
    Firings,

    /// <summary>What the studio itself bears: unused space, goodwill, what a failed firing is not charged for.</summary>
    StudioShare,

    /// <summary>Money received and paid out.</summary>
    Cash,

    /// <summary>Value added tax that members were charged.</summary>
    Vat,
}

/// <summary>One account of a studio's ledger: one a member, one of each other kind.</summary>
/// <param name="Kind">What it is for.</param>
/// <param name="Member">The member's opaque id; null for the studio's own accounts.</param>
public sealed record Account(AccountKind Kind, string? Member = null)
{
    /// <summary>What firings brought in.</summary>
    public static Account Firings { get; } = new(AccountKind.Firings);

    /// <summary>What the studio itself bears.</summary>
    public static Account StudioShare { get; } = new(AccountKind.StudioShare);

    /// <summary>Money received and paid out.</summary>
    public static Account Cash { get; } = new(AccountKind.Cash);

    /// <summary>Value added tax that members were charged; only where the studio charges any.</summary>
    public static Account Vat { get; } = new(AccountKind.Vat);

    /// <summary>What that member owes.</summary>
    public static Account OfMember(string member) => new(AccountKind.Member, member);
}
