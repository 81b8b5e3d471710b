namespace KilnShare.Core.Common;

/// <summary>The identity of one <typeparamref name="T"/>: a UUID that cannot be mistaken for another concept's.</summary>
/// <param name="Value">The UUID (version 7 where the service made it).</param>
public readonly record struct Id<T>(Guid Value)
{
    /// <summary>The UUID in its usual 36-character lower-case form.</summary>
    public override string ToString() => Value.ToString("D");
}
